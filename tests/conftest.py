"""What all tests share: how hypothesis searches."""

from hypothesis import HealthCheck, settings

# No deadline: how long one example takes says more about the machine than about the code.
settings.register_profile("search", deadline=None, suppress_health_check=[HealthCheck.too_slow])
# The same examples in every run; new ones are searched for with --hypothesis-profile=search, or =long.
settings.register_profile("gate", parent=settings.get_profile("search"), derandomize=True)
settings.register_profile("long", parent=settings.get_profile("search"), max_examples=5000)
settings.load_profile("gate")

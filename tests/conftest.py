"""What all tests share: how hypothesis searches."""

from hypothesis import HealthCheck, Phase, settings

# No deadline: how long one example takes says more about the machine than about the code.
settings.register_profile("search", deadline=None, suppress_health_check=[HealthCheck.too_slow])
# The same examples in every run; new ones are searched for with --hypothesis-profile=search, or =long.
settings.register_profile("gate", parent=settings.get_profile("search"), derandomize=True)
settings.register_profile("long", parent=settings.get_profile("search"), max_examples=5000)
# For planted faults (make mutate): that a property fails is enough, the smallest example is not looked for.
settings.register_profile(
    "mutants", parent=settings.get_profile("gate"), phases=[Phase.explicit, Phase.generate], print_blob=False
)
settings.load_profile("gate")

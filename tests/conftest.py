"""What all tests share: how hypothesis searches."""

import os

from hypothesis import HealthCheck, settings

# No deadline: how long one example takes says more about the machine than about the code.
settings.register_profile("desk", deadline=None, suppress_health_check=[HealthCheck.too_slow])
# The same examples in every run of the gate; new ones are searched for at desks and by the long profile.
settings.register_profile("gate", parent=settings.get_profile("desk"), derandomize=True)
settings.register_profile("long", parent=settings.get_profile("desk"), max_examples=5000)
settings.load_profile("gate" if os.environ.get("CI") == "true" else "desk")

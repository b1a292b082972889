"""A pytest plugin: plants the change that the environment names before anything is loaded."""

import json
import os
import resource

from tests.mutate.places import Mutant
from tests.mutate.planting import NAME, SECONDS, plant_before_loading

# A change that never ends is ended by the system, however busy the machine is.
_most = int(float(os.environ[SECONDS])) + 1
resource.setrlimit(resource.RLIMIT_CPU, (_most, _most + 5))
plant_before_loading(Mutant(**json.loads(os.environ[NAME])))

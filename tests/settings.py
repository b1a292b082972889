"""Settings for tests: the real ones, a home folder of their own, a quick hasher."""

import os
import tempfile

os.environ["PINCHBOLT_HOME"] = tempfile.mkdtemp(prefix="pinchbolt-test-")

from pinchbolt.serving.settings import *  # noqa: F403  (the home folder must be named first)

PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
ALLOWED_HOSTS = ["testserver", "127.0.0.1", "localhost"]

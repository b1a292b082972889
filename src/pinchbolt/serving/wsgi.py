"""The WSGI application."""

import os

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "pinchbolt.serving.settings")

from django.core.wsgi import get_wsgi_application

from pinchbolt.serving.room_for_calls import with_room

application = with_room(get_wsgi_application())

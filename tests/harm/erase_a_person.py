"""A home folder in which a person was written down everywhere; it is copied, then they go: python -m tests.harm.erase_a_person COPY."""

import shutil
import sys

import django

django.setup()

from pinchbolt.serving.backup import back_up
from pinchbolt.serving.migrating import migrate

migrate()

from django.db import connection

from pinchbolt.records.models import Person, SentText
from pinchbolt.serving.home import home_folder
from pinchbolt.workshop.keeping.erase import EraseRequest, erase_owner
from pinchbolt.workshop.keeping.write_out import write_out
from tests import story
from tests.story import NOW, PASSPHRASE
from tests.workshop.keeping.erase_story import gone, worked_and_signed
from tests.workshop.ride_story import ride_of, take

marnie = Person.objects.make("marnie", "Marnie Oakes", "owner of the workshop", PASSPHRASE)
told = worked_and_signed(story.checked_in())
take(told, ("dov-ellenby-home.fit", ride_of(248, 40.0)))
SentText.objects.create(event=told.record.events.latest("pk"), text="Dear Dov Ellenby, your bike is ready.")
owner = gone(told)
connection.close()
shutil.copytree(home_folder(), sys.argv[1])
erase_owner(EraseRequest(owner.pk, PASSPHRASE), by=marnie.pk, key="erase-00001", now=NOW)
back_up(NOW)
write_out(home_folder() / "out", NOW, "0")

from datetime import timedelta
from decimal import Decimal
from pathlib import Path
import pytest
from pinchbolt.workshop.ordering.order_files import print_order
from pinchbolt.records.models import *
from tests.story import NOW
from tests.workshop.ordering.test_order_list import agreed, stock, order_of
from tests.workshop.asking_back.test_letters import due
from django.utils.module_loading import import_string
from django.conf import settings
pytestmark = pytest.mark.django_db
def test_order(agreed):
    stock(agreed)
    Path("/work/notes/day/order.pdf").write_bytes(print_order("Harrow Supply", NOW))
def test_letter():
    at = due()
    from pinchbolt.workshop.asking_back._back_words import BackWords, letter_words
    b = at.record.bike
    told = BackWords(b.owner.name, b.words, b.tag, "Chain: likely at its limit")
    press = import_string(settings.BACK_PRESS)
    Path("/work/notes/day/letter.pdf").write_bytes(press(b.owner.pk, b.tag, letter_words(told), NOW))

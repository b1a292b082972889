"""One field for each place where words of the shop stand."""

from django.http import QueryDict

from pinchbolt.bench.fields import Words
from pinchbolt.bench.settings.settings_form import SettingForm
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.lookups import terms
from pinchbolt.workshop.acts.shop_words import PLACES
from pinchbolt.workshop.settings.words_on_papers import WordsRequest


class WordsForm(SettingForm):
    """Words by their place."""

    form_id = "words"
    foot_words = Words(worded("at the foot of estimate and bill"), rows=2)

    def __init__(self, data: QueryDict | None = None) -> None:
        shop = terms()
        super().__init__(data, initial={**shop.words, "foot_words": shop.foot_words})
        for place in PLACES:
            self.fields[place.id] = Words(
                place.words, rows=2 if place.most > 100 else 1, help_text=place.where
            )

    def asked(self) -> WordsRequest:
        """Return the request for the use case."""
        values = self.checked()
        return WordsRequest(
            {place.id: values[place.id] for place in PLACES}, values["foot_words"], values["seen"]
        )

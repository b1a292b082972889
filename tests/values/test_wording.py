"""A sentence in the language of the process: found by its English text, refused where its gaps are others."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

from pinchbolt.values.wording import LanguageRefused, Translated, instead_of, read_translation, worded

ROOT = Path(__file__).resolve().parents[2]
HEAD = 'msgid ""\nmsgstr ""\n"Content-Type: text/plain; charset=UTF-8\\n"\n\n'


def test_in_english_a_sentence_is_what_stands_in_the_source():
    """With values its gaps are filled; without any a brace is a brace."""
    assert worded("{tag} is on stand {stand:.0f}.", tag="PB-001", stand=2.0) == "PB-001 is on stand 2."
    assert worded('Send {"tag": "PB-001"}.') == 'Send {"tag": "PB-001"}.'


def test_a_translation_is_read_as_gettext_writes_it():
    """Texts over several lines, signs behind a backslash, a code apart from a sentence; what is fuzzy is not used yet."""
    text = (
        HEAD
        + '#: a.py:1\nmsgid "One "\n"two."\nmsgstr "Eins \\"zwei\\".\\n"\n\n'
        + '#, fuzzy\nmsgid "Three."\nmsgstr "Drei."\n\n'
        + 'msgctxt "code"\nmsgid "agreed"\nmsgstr "zugesagt"\n\n'
        + 'msgid "Four."\nmsgstr ""\n'
    )
    assert [(one.english, one.instead, one.is_code) for one in read_translation(text)] == [
        ("One two.", 'Eins "zwei".\n', False),
        ("agreed", "zugesagt", True),
        ("Four.", "", False),
    ]


@pytest.mark.parametrize(
    ("english", "instead"),
    [
        ("{tag} is here.", "Hier ist es."),
        ("{tag} is here.", "{tags} ist hier."),
        ("{share:.2f} of it", "{share:.0f} davon"),
        ("Ask <b>{owner}</b>.", "{owner} fragen."),
        ("Nothing yet.", "{{ settings.SECRET_KEY }}"),
        ("Nothing yet.", "<script>1</script>"),
    ],
)
def test_a_translation_with_other_gaps_is_refused_by_its_name(english, instead):
    """A sentence that loses a figure, or brings a tag of its own, is not said."""
    with pytest.raises(LanguageRefused) as refused:
        instead_of([Translated(english, instead, 7)], "de.po")
    assert "de.po, line 7" in str(refused.value) and english in str(refused.value)


def test_gaps_may_stand_elsewhere_and_an_english_plural_may_go():
    """Another order is another language; so is another way to say many. Blanks at the ends stay those of the English text."""
    told = [
        Translated("{many} spoke{s} of {wheel}", "{wheel}: {many} Speichen", 1),
        Translated(" from ", "von", 2),
    ]
    assert instead_of(told, "de.po") == {
        "{many} spoke{s} of {wheel}": "{wheel}: {many} Speichen",
        " from ": " von ",
    }


def _asked(language: str) -> subprocess.CompletedProcess[str]:
    around = {**os.environ, "PINCHBOLT_LANGUAGE": language, "PYTHONPATH": str(ROOT / "src")}
    code = "from pinchbolt.values.about import time_words; print(time_words(90))"
    return subprocess.run(
        [sys.executable, "-c", code], env=around, capture_output=True, text=True, check=False
    )


def test_a_process_speaks_the_language_it_was_started_with(tmp_path):
    """Sentences that are said as their module is loaded too."""
    file = tmp_path / "xx.po"
    file.write_text(HEAD + 'msgid "{count} minute{s}"\nmsgstr "{count} Minuten"\n', encoding="utf-8")
    assert _asked(str(file)).stdout == "90 Minuten\n"
    assert _asked("").stdout == _asked("en").stdout == "90 minutes\n"


def test_a_language_without_a_file_is_refused_in_one_sentence():
    """The program ends before it begins, and says what to do."""
    told = _asked("xx")
    assert told.returncode == 1
    assert "PINCHBOLT_LANGUAGE is xx" in told.stderr and "Traceback" not in told.stderr

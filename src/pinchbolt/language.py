"""Which language this process speaks, read once as the package is loaded: before any sentence of it stands anywhere.

`PINCHBOLT_LANGUAGE` names it: a code such as de, whose file lies in `pinchbolt/words/`, or the path of a .po file.
"""

from pathlib import Path

from pinchbolt.values.wording import LanguageRefused, read_translation, speak

CHOSEN_BY = "PINCHBOLT_LANGUAGE"
_FOLDER = Path(__file__).parent / "words"


def speak_language(asked: str) -> None:
    """Say every sentence from now on in the language that is asked for.

    Raises:
        LanguageRefused: There is no such file, or it can't be used.
    """
    file = Path(asked) if asked.endswith(".po") else _FOLDER / f"{asked}.po"
    try:
        text = file.read_text(encoding="utf-8")
    except (OSError, ValueError) as error:
        sentence = f"{CHOSEN_BY} is {asked}: {file} can't be read ({error}). Leave it out for English."
        raise LanguageRefused(sentence) from error
    speak(read_translation(text), file.name)

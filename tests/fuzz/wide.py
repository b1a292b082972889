"""`make fuzz`: every property of the tests asked with examples that no run has asked before; arguments go to pytest.

The tests themselves ask the same examples in every run, so that they say the same on every machine. This is where new ones are
looked for. `--hypothesis-profile=long` asks 5,000 a property. What it finds is printed with the example: pin that beside the property
with `@example`, see it fail, mend the mechanism, or state the law as it does hold.
"""

import sys

import launch


def main(arguments: list[str]) -> int:
    """Run the properties alone, by chance; the number of the search is printed, so that it can be made again."""
    words = list(arguments)
    if not any(word.startswith("--hypothesis-profile") for word in words):
        words.append("--hypothesis-profile=search")
    if not any(word.startswith("-n") for word in words):
        words += ["-n", "2"]
    return launch.call(launch.python("-m", "pytest", "-q", "-m", "hypothesis", *words))


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))

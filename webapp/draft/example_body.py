"""A body nobody has: recipes are drawn on it where no body is measured yet."""

from typing import Final

from webapp.draft.recipe import Body

# Invented; near the middle of what `measures.MEASURES` takes for an adult.
EXAMPLE_BODY: Final = Body(
    name="Example",
    measures={
        "height": "168 cm",
        "head": "57 cm",
        "neck": "37 cm",
        "bust": "94 cm",
        "waist": "77 cm",
        "hip": "101 cm",
        "shoulder width": "39 cm",
        "back length": "41 cm",
        "arm length": "59 cm",
        "upper arm": "30 cm",
        "wrist": "16.5 cm",
        "rise": "27 cm",
        "inside leg": "77 cm",
    },
)

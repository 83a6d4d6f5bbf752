"""Plates of any shape and any words, made by a seed."""

from __future__ import annotations

import base64
import random
from collections.abc import Iterator
from dataclasses import replace

from buildlog.pages.plate_layout import margin_orders
from buildlog.pages.views import Link, Plate
from tests.pages import samples

WORDS = ("mast", "winch", "rib", "planked in limewood", "and", "edged by hand", "with a scraper", "bulwark")
LONGEST = "Oberlichtverkleidungsbefestigungsschraube"


def made_plates(seed: int, count: int, callouts_each: int | None = None) -> Iterator[Plate]:
    """So many plates of any shape, with 1 to 12 callouts of short words, of long ones, or of both."""
    source = random.Random(seed)

    def text(most: int) -> str:
        return " ".join(source.choice(WORDS) for _ in range(source.randint(1, most)))

    for number in range(1, count + 1):
        most = source.choice([6, 20, 60])
        callouts = []
        for each in range(1, (callouts_each or source.randint(1, 12)) + 1):
            box = None
            across, down = source.random(), source.random()
            if source.random() < 0.25:
                width, height = 0.02 + 0.3 * source.random(), 0.02 + 0.3 * source.random()
                box = (across * (1 - width), down * (1 - height), width, height)
                across, down = box[0] + width / 2, box[1] + height / 2
            title = "" if source.random() < 0.2 else text(5).capitalize()
            callouts.append(
                samples.callout(
                    each,
                    f"p{number}-c{each}",
                    title,
                    text(most) + (f" {LONGEST}" if source.random() < 0.1 else ""),
                    (across, down),
                    (Link(text(4)), Link(text(3), "catalogue/")) if source.random() < 0.5 else (),
                    (),
                    (samples.SIMPLIFIED,) if source.random() < 0.3 else (),
                    box=box,
                )
            )
        shape = source.choice([(2400, 1600), (1600, 2400), (2400, 1350), (2400, 800), (2000, 2000)])
        name = source.randbytes(12).hex()
        shown = replace(
            samples.picture(f"{name[:2]}/{name}", f"The model from one side, {text(12)}.", *shape),
            placeholder=f"data:image/webp;base64,{base64.b64encode(source.randbytes(90)).decode()}",
        )
        yield Plate(
            id=f"made-{number}",
            number=number,
            picture=shown,
            view="",
            caption_html=text(12) if source.random() < 0.7 else "",
            callouts=tuple(callouts),
            orders=margin_orders(shown, callouts),
        )

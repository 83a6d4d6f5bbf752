"""Every kind of page held to WCAG 2.2 AA by axe-core, in light and dark, wide and narrow, and at 200 % zoom."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

AXE = Path(sys.prefix) / "tools" / "node_modules" / "axe-core" / "axe.min.js"
PAGES = {
    "home": "",
    "catalogue": "catalogue/",
    "catalogue as a table": "catalogue/?show=table",
    "build in progress": "builds/corriemoor/",
    "finished build": "builds/bramble/",
    "progress page": "builds/corriemoor/2026-08-15-markings/",
    "turntable": "builds/corriemoor/2026-10-10-turntable/",
    "guide": "guide/",
    "guide to keys": "guide/records/",
}
SCREENS = {
    "desk": {"width": 1360},
    "phone": {"width": 390, "height": 844, "has_touch": True, "is_mobile": True},
    "desk at 200 %": {"width": 680, "height": 450, "device_scale_factor": 2},
}
JUDGE = """async () => {
    const tags = ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice'];
    const found = await axe.run(document, {runOnly: tags, resultTypes: ['violations']});
    return found.violations.flatMap(one => one.nodes.map(
        node => `${one.id}: ${one.help}: ${node.target.join(' ')}: ${node.failureSummary.split('\\n')[1]}`));
}"""

pytestmark = pytest.mark.browser


@pytest.mark.parametrize("screen", SCREENS.values(), ids=SCREENS.keys())
@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("where", PAGES.values(), ids=PAGES.keys())
def test_no_barrier_is_found(open_demo, where, scheme, screen):
    """axe-core finds no violation of WCAG 2.2 A and AA, nor of its own good practice."""
    page = open_demo(where, color_scheme=scheme, reduced_motion="reduce", **screen)
    page.add_script_tag(content=AXE.read_text(encoding="utf-8"))

    assert page.evaluate(JUDGE) == []

"""
Write anew what the loader says of each fault: `python -m tests.records.write_says`.

Read the difference before committing it: the messages are what a builder sees.
"""

import tempfile
from pathlib import Path

from tests.records.sites import BROKEN, heron, said_of

if __name__ == "__main__":
    for fault in sorted(BROKEN.iterdir()):
        if fault.name != "good":
            with tempfile.TemporaryDirectory() as folder:
                (fault / "says.txt").write_text(said_of(heron(Path(folder), fault)), encoding="utf-8")

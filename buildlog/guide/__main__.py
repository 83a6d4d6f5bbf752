"""`python -m buildlog.guide` writes the generated pages of the guide anew."""

import sys
from pathlib import Path

from buildlog.guide.generating import write_guide

if __name__ == "__main__":
    for path in write_guide(Path(sys.argv[1] if len(sys.argv) > 1 else "content/guide")):
        sys.stdout.write(f"{path}\n")

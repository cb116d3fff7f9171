"""Build the documentation site; a warning is an error, and no network is used.

    python scripts/build_site.py            writes build/site
    python scripts/build_site.py FOLDER     writes another folder

Then ``python -m http.server -d build/site -b 127.0.0.1`` shows it; without a server index.html
opens too, but its search stays silent.
"""

from __future__ import annotations

import os
import sys
from pathlib import Path

CONFIG = Path(__file__).parent / "site" / "mkdocs.yml"


def main() -> None:
    # The theme prints a notice about a coming version of mkdocs, which is not used here.
    os.environ.setdefault("NO_MKDOCS_2_WARNING", "true")
    from mkdocs.__main__ import cli

    folder = [f"--site-dir={Path(sys.argv[1]).resolve()}"] if sys.argv[1:] else []
    cli(["build", "--strict", "--quiet", f"--config-file={CONFIG}", *folder])


if __name__ == "__main__":
    main()

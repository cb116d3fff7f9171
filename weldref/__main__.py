"""``python -m weldref`` is the command line."""

import sys

from weldref.cli import main

sys.exit(main())

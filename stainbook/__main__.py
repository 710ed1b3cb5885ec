"""``python -m stainbook`` is the command ``stainbook``."""

import sys

from stainbook.cli import main

if __name__ == "__main__":
    sys.exit(main())

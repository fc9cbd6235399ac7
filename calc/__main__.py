"""`python -m calc`."""

import sys

from calc.command.main import main

if __name__ == "__main__":  # The processes of a fleet import it too.
    sys.exit(main())

"""`python -m calc`."""

import sys

from calc.command.main import main

sys.exit(main())

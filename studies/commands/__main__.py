"""``python -m studies.commands`` is the command ``glueline``."""

import sys

from studies.commands import main

sys.exit(main())

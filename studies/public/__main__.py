"""``python -m glueline`` is the command ``glueline``."""

import sys

from glueline.studies.commands import main

sys.exit(main())

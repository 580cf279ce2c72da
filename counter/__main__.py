"""`python -m counter` is `spokenrow`."""

import sys

from counter.commandline import main

sys.exit(main())

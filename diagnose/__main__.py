"""`python -m diagnose` does the same as the command `bowlside`."""

from diagnose.cli import main

raise SystemExit(main())

"""``python -m calculators``."""

from calculators.doors.command_line import main

raise SystemExit(main())

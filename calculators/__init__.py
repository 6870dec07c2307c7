"""Calculators for planning a covered aerobic composting yard.

The package computes; it knows nothing of pages, files or browsers outside ``calculators.doors``.
Start at ``calculators.catalogue`` (every calculator) and ``calculators.plan`` (one yard, all of them linked).
"""

__version__ = "0.1.0"

"""Walks through time: what a yard and its heaps do day by day."""

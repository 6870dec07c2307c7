"""Simulations over time: what a heap does through its days. They know nothing of pages, plans or the catalogue."""

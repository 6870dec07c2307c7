"""Forms, results, charts and lists as trees of elements. Knows what a calculator is, not what composting is."""

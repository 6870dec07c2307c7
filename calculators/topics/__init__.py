"""One readable module per calculator. ``calculators.catalogue`` lists them in the order in which a yard is planned."""

"""The yard as geometry, in metres: the rooms, their arrangement on a plot, the way of a vehicle, and the checks."""

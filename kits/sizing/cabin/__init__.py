"""The cabin over time and the people in it: pull-down, warm-up, what a vent's air does to a face."""

"""The papers that let a person do dangerous work, from a day to a day."""

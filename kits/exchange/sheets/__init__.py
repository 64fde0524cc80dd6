"""The sheets of the workbook, as the models have them."""

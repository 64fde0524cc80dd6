"""The refrigerant: its properties, what it does in lines and hoses, the charge, the valve, what gauges read.

Property tables are built once from CoolProp and kept as files.
"""

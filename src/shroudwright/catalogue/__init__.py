"""Parts and standard sizes as data, one CSV per kind.

read    one reader: a table into frozen records, SI inside, blank is None
wire    wire.csv: SAE primary wire areas, metric flexible conductors
"""

"""What air, coolant and copper are like: properties with their range and source.

air        standard pressure, humidity, and the properties of moist air
coolant    glycol and water: strength, freezing, boiling, and the property table the pack reads
conductor  copper wire: sizes, resistance and the volts it loses
water      vapour pressure and boiling point of plain water
tables     the property sets kept here as CSV
"""

"""What air and coolant are like: properties with their range and source.

air      standard pressure, humidity, and the properties of moist air
coolant  glycol and water: strength, freezing, boiling, and the property table the pack reads
"""

"""What it costs, in decimal money.

bill    labour_time, money, bill
"""

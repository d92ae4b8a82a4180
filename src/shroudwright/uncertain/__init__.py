"""How sure an answer is: draws of everything uncertain, bands, chances, and what moves the answer most.

draws    quasi-random values for every prior, medians in row 0
bands    median and 5 to 95 %, chance of holding, the ambient held with nine chances in ten, leverage
"""

"""The shroud as sheet metal: bends, the rolled section, the flats to cut, and what is wrong with them.

bend     allowance, setback, deduction, neutral line, smallest radius
sheet    the metals kept, gauges, weight
edges    exact distances between outlines, circles and bend strips
openings, cutouts, ears    shapes of what is cut out, and what a blank grows for a bolt
fitted   a blank with openings shaped and holes added
opening_rules              what is wrong with holes and openings
hardware, welds            what holds it, seals it and joins it
strength what they stand, and how they grow with heat
section  the rolled-edge section and its developed length
shroud   flats, holes, weight and findings of a rolled shroud
cutting  an outline parted by a line
fold     where each point of a flat ends up once it is bent
assembly where folded parts stand in a finished shroud
nest     flats laid out on the shop's sheets
meeting  where straights and arcs meet
drawing_rules    what a cutter would trip over

chain, mesh, plate   a flat sheet with openings by elements: frequencies, sag and stress
vibration            what shakes it, what heat does to it
stiffness            the face with its fans on: findings, and what would cure it
"""

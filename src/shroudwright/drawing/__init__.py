"""Pictures and cut files: neutral shapes, and what writes them.

shapes         lines, arcs, circles, paths and text in metres, with a few named pens
svg            shapes -> one SVG for the page, the paper and the download
flat_picture   a flat with its dimensions, hole numbers and bend labels
face_picture   how the shroud's face moves when it shakes
dxf            a flat -> the file that is cut and the file that is read
plots          heat, air and coolant of an assessment
air_map        face speed over the core in colours
clearances     fans in plan with the tightest gaps, labels set by `placing`
depth_section  what stands behind the core, along the air
plenum_curves  coolant against depth, cover and flaps
hatching       slanted lines over a region
"""

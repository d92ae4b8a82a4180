"""Pictures and cut files: neutral shapes, and what writes them.

shapes         lines, arcs, circles, paths and text in metres, with a few named pens
svg            shapes -> one SVG for the page, the paper and the download
flat_picture   a flat with its dimensions, hole numbers and bend labels
face_picture   how the shroud's face moves when it shakes
dxf            a flat -> the file that is cut and the file that is read
cells          polygons with holes, parted by lines
mesh           a folded flat and plain bodies as triangles, to STL and GLB
folded_picture folded parts as lines, what lies behind left out
scene          the shroud and what stands round it as solids
viewer         solids as one page that turns under the mouse
step           folded parts as STEP, by an optional kernel
paper          pages at full size, to PDF, and their lines read back
template       a flat at full size, on one page or over sheets
plots          heat, air and coolant of an assessment
air_map        face speed over the core in colours
clearances     fans in plan with the tightest gaps, labels set by `placing`
depth_section  what stands behind the core, along the air
plenum_curves  coolant against depth, cover and flaps
hatching       slanted lines over a region
"""

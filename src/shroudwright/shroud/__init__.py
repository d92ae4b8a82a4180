"""The shroud on the core: its outlines, and whether fans fit behind it.

pieces     what two outlines share, and what one leaves of the other, exactly
outline    the inner outline from its reaches or its own rows, its notches and its divider
edges      how far a round or square thing lies inside an outline
bodies     fans, plate and what is in the way; the gaps wanted
hood       room under the shut hood
square     whether a core's face is square
fit        every clearance of fans where they stand, for one placement or thousands
"""

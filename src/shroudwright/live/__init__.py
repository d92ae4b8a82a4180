"""Answers while something is being moved: quick ones at the medians, and one to trust when it is let go.

moves     fans elsewhere, and turned
look      one look at the air behind the core
desk      Live: a job prepared for both
quick     what is told in every frame
settled   what is told when it is let go
redrive   a drive run again while its thresholds are dragged
"""

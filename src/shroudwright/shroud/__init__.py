"""The shroud on the core: its outlines, and whether fans fit behind it.

pieces     what two outlines share, and what one leaves of the other, exactly
outline    the inner outline from its reaches or its own rows, its notches and its divider
"""

"""What every room leans on: units, errors, findings, sources, compiling, and the shop-math registry."""

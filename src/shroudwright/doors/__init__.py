"""The ways in: the command line. Doors read, ask and show; they hold no sums."""

"""Speed, measured against a plain version in the same run. Nothing here is a test."""

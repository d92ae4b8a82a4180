"""Scripts run by hand that make files the package keeps."""

"""What is this household, this house and this place? Job files in, frozen jobs out.

A job file is TOML; every quantity is text with a unit and becomes a plain SI float here, once.
Later stages never see the file.
"""

"""Pictures for files: one small figure model, drawn as SVG, shown in HTML or turned into PNG.

The dashboard draws its own interactive charts; these are for documents and for the command line.
"""

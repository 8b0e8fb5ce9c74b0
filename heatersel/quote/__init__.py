"""What is put on the table and signed: prices from the company's own book, its rules, a document.

A price book says what things cost, a policy what may be offered and how; together they turn a
comparison into a quote that any plumber of the company would give. The register keeps quotes.
"""

"""Many houses at once: what each should get, and what that does to a town or a country.

A file of houses is read row by row, each row becomes a job, and each job runs through the same
chain as a single house. Rows are shared out to workers in partitions; what a partition comes to
is written whole or not at all, so that a run can be stopped and taken up again.
"""

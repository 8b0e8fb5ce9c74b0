"""What does the plumber ask at the kitchen table? Answers as spoken in, the tables of a job out.

`hearing` understands answers as people give them, `questions` lists what is asked and why, `flow`
goes through them, back and forth, and `draft` keeps the answers of an interview that was broken
off. Nothing here reads a keyboard or prints.
"""

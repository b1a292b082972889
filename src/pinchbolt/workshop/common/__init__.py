"""What every room of the workshop stands on: the tables in use, plain JSON there and back, refusals that several acts share.

Nothing here opens a record.
"""

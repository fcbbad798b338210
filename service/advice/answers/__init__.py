"""What the operations answer.

Each class becomes a schema of the specification; the annotation beside a field is its description.
"""

"""What a person can do, one short function each, grouped by moment.

book (trials, people) → plan → seal → bench and ballot (smelling) → findings. ``doors`` decides who is who. A page
calls one of these and shows what comes back; each either happens whole or leaves everything as it was.
"""

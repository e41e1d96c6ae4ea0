"""Reports of a session or a brief, and the file from which all of a report can be worked out again.

``export`` writes and reads that file, ``numbers`` spells everything that was found in one way only, ``two`` and
``several`` say it in words and tables, ``html`` and ``pdf`` set it. What the app hands out and what the command line
makes from the file are the same bytes.
"""

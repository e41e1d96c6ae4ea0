"""Sheets on paper, as PDF and as HTML: preparation, letter key, labels, paper ballots, timetables; calendar files.

``desk`` builds each from what the store holds. What stands on a sheet is worked out once, as values (``values``), and
then drawn by ``pdf`` and ``html`` alike, so that the two say the same. Heavy libraries are imported here only.
"""

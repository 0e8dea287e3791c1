"""The workbook of a campaign: every reading, what was made of it, and formulas that make it again.

A sheet of cautions first, results, then each run with its rows and its readings. What a spreadsheet can honestly
reckon (means, quotients, shares, sums of squares, weighted means) stands as a formula on the rows it comes from, beside
the record's own number; what comes from the library (uncertainties, intervals, the fit) stands as a value and says so.
"""

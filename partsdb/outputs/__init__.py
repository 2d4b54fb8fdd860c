"""Results as text for a narrow screen, and as JSON. No I/O: every function returns lines or plain data.

words     one value, limit, time or amount in the words a fitter uses
finding   what it is, what will do instead
ordering  the plan: what to order, from whom, by which hour
plain     the same results as JSON-ready data
"""

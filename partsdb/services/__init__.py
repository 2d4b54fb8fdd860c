"""Use cases, one function each: the only place that joins the core, the store and the clock.

measuring   what a person measured, as numbers the core can weigh
inquiries   one failure being worked on: what it is, what it must withstand, what will do instead
ways        verdicts and offers -> the needs and options a plan chooses from
orders      jobs, plans, orders placed and received, the register of stand-ins
answer      the four lines for greasy hands
demo        the invented scenario, played through the same services
"""

"""A player's daily practice: the use cases behind today, played and plan, where the stages meet.

Nothing here reads the clock, prints to the terminal, or knows a command line: dates, moments and paths come in.
"""

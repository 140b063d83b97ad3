"""The program from Python: one function for each thing a person asks of it. The command line calls these.

Everything that depends on the moment, the folder or the player comes in as an argument. What is asked for in vain
raises `RequestError`, with a message of one line; what this machine lacks or refuses raises `MachineError`.
"""

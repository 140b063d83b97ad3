"""What has been covered, what is neglected, what got faster: counted from the log, told in words or drawn."""

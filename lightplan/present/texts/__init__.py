"""What is said about plans and lights, in words and tables, for every reader alike."""

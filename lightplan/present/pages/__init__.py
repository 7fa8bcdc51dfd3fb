"""The pages on screen: widgets and calls, no logic."""

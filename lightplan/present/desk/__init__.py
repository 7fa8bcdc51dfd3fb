"""What a visitor of the screens works on, and the searches that run for them."""

"""What a quilt, a partner and a request are, and everything computed from them."""

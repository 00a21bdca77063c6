"""What is true: quantities, refrigerants, limits and the sums made with them."""

"""What grows: varieties, schedules, spaces, plantings, where their plants stand, and what is made of them."""

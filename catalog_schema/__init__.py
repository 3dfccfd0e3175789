"""What an item of gear is: tables declared once, units, reading, writing, problems."""

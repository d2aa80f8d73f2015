"""Whatever comes in: each intake is answered, or refuses with words. ``make fuzz`` tries it for longer."""

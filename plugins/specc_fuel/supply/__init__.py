"""The supply: what the cylinders hold, their pressure, and how much gas they can boil off."""

"""How fast it is: ratios measured in one run, on a farm of one year and the same farm with more years behind it."""

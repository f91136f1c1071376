# Prints the rows of normal.csv. Run once with Python 3.11; needs nothing else.
import math

ZS = [-37, -20, -8, -6, -5, -4, -3.5, -3, -2.5, -2.2, -2.1, -2, -1.96, -1.5, -1.2815515655446004, -1, -0.5, -0.1, 0, 0.1, 0.5, 1, 1.96, 2, 2.1, 2.2, 3, 4, 8]
for z in ZS:
    print(f"{z!r},{0.5 * math.erfc(-z / math.sqrt(2))!r}")

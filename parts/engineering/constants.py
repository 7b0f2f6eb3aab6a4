"""Exact constants of measure, as Fractions.

The inch, pound and standard gravity are exact by definition: international yard and pound
agreement of 1959 and ISO 80000; the horse-power is 550 ft lbf/s; the Btu is the International
Table one (1 Btu/lb = 2.326 kJ/kg); gallons are 231 in3 (US) and 4.54609 l (imperial).
"""

from fractions import Fraction

MM_PER_IN = Fraction(254, 10)
MM_PER_FT = MM_PER_IN * 12
MM_PER_YD = MM_PER_IN * 36
MM3_PER_IN3 = MM_PER_IN**3
KG_PER_LB = Fraction(45359237, 10**8)
KG_PER_OZ = KG_PER_LB / 16
G_M_S2 = Fraction(980665, 10**5)
N_PER_LBF = KG_PER_LB * G_M_S2
KPA_PER_PSI = N_PER_LBF / MM_PER_IN**2 * 1000
KPA_PER_MMHG = Fraction(133322387415, 10**12)  # conventional, NIST SP 811
KPA_PER_ATM = Fraction(101325, 1000)
NM_PER_LBFT = N_PER_LBF * MM_PER_FT / 1000
KW_PER_HP = NM_PER_LBFT * 550 / 1000
KJ_PER_BTU = Fraction(2326, 1000) * KG_PER_LB
KG_M3_PER_LB_IN3 = KG_PER_LB / MM3_PER_IN3 * 10**9
L_PER_US_GAL = MM3_PER_IN3 * 231 / 10**6
L_PER_IMP_GAL = Fraction(454609, 10**5)

# What a ton, a hundredweight and a quarter weigh, in kg, by which ton is meant.
TONS = {
    "long": (2240 * KG_PER_LB, 112 * KG_PER_LB, 28 * KG_PER_LB),
    "short": (2000 * KG_PER_LB, 100 * KG_PER_LB, 25 * KG_PER_LB),
    "metric": (Fraction(1000), Fraction(50), Fraction(25, 2)),
}

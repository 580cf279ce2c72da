"""What garments that open at the front share: cardigan, child's cardigan and vest.

Across the body lie, from right to left as worked, the right front, an armhole, the back, an
armhole and the left front. The last loop of an armhole's bind-off stays live and is the first
loop of the next panel, so that

    N = F + (K - 1) + B + (K - 1) + F

with N foundation loops, F loops of a front, B of the back and K bound off at each armhole. Each
front loses D loops at its neck edge, one in every other row from the first, and keeps S = F - D
for its shoulder. The back closes loop by loop with both shoulders; what lies between is the back
neck, B - 2S. All of it is counting; the trade rules that are not are marked in place.
"""

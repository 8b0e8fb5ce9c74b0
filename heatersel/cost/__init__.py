"""What an option costs: bills under the household's tariff, life-cycle cost, and its spread.

`tariff` and `bill` turn energy into monthly bills at the margin over the household's other use;
`installed` and `incentives` give the price of the work; `life_cycle` brings the years together
by the published federal method; `uncertainty`, `sensitivity` and `break_even` say how sure the
answer is; `emissions` counts carbon; `shifting` searches a heating schedule; `report` is the
chain over all of them that the faces call.
"""

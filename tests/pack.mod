# SPDX-License-Identifier: GPL-3.0-or-later
#
# Rectangles on a roll of a width, the least length (GMPL, for glpsol): every
# two pieces lie one beside the other or one behind the other.
param n, integer; param width, integer;
set P := 1..n;
param w{P}; param h{P}; param turned{P};
param tall := sum{i in P} max(w[i], h[i]);
var x{P} >= 0, <= width; var y{P} >= 0, <= tall; var length >= 0;
var t{i in P}, binary;                    # piece i is turned
var left{i in P, j in P: i <> j}, binary; # i lies left of j
var below{i in P, j in P: i <> j}, binary;
minimize taken: length;
s.t. may{i in P}: t[i] <= turned[i];
s.t. inside{i in P}: x[i] + w[i] + (h[i] - w[i]) * t[i] <= width;
s.t. until{i in P}: y[i] + h[i] + (w[i] - h[i]) * t[i] <= length;
s.t. beside{i in P, j in P: i <> j}:
	x[i] + w[i] + (h[i] - w[i]) * t[i] <= x[j] + 2 * width * (1 - left[i,j]);
s.t. behind{i in P, j in P: i <> j}:
	y[i] + h[i] + (w[i] - h[i]) * t[i] <= y[j] + tall * (1 - below[i,j]);
s.t. apart{i in P, j in P: i < j}: left[i,j] + left[j,i] + below[i,j] + below[j,i] >= 1;
solve;
printf "optimum %d\n", round(length);
end;

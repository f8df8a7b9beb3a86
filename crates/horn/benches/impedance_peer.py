"""The peer of the impedance bench: the same cones, losses and frequencies in vectorised numpy, one core.

Reads cones, air and a number of frequencies as JSON from standard input; prints the processor time of the
best of five runs in seconds."""

import json
import sys
import time

import numpy as np
from scipy.special import jve

given = json.load(sys.stdin)
air, rim = given["medium"], given["rim"]
rho, c = air["rho"], air["c"]
frequency = 20.0 + 0.5 * np.arange(given["count"])


def layer(z):
    return 2 * jve(1, z) / (z * jve(0, z))


def curve():
    omega = 2 * np.pi * frequency
    k = omega / c
    x = (k * rim) ** 2
    modulus = (1 + 0.8 * x) / (1 + 1.3 * x + 0.266 * x**2 + 0.0263 * x**3)
    length = 0.6133 * rim * (1 + 0.0599 * x) / (1 + 0.238 * x - 0.0153 * x**2 + 0.0015 * x**3)
    reflection = -modulus * np.exp(-2j * k * length)
    p, u = (1 + reflection) * rho * c / (np.pi * rim**2), 1 - reflection
    kv = np.sqrt(-1j * omega * rho / air["mu"])
    for cone in reversed(given["cones"]):
        r1, r2, long = cone["r1"], cone["r2"], cone["length"]
        radius = 0.5 * (r1 + r2)
        viscous = 1 / (1 - layer(kv * radius))
        thermal = 1 + (air["gamma"] - 1) * layer(kv * radius * np.sqrt(air["prandtl"]))
        z = rho * c * np.sqrt(viscous / thermal)
        g = 1j * k * np.sqrt(viscous * thermal) * long
        ch, sh = np.cosh(g), np.sinh(g)
        grow = r2 / r1 - 1
        a = (1 + grow) * ch - grow * sh / g
        b = z / (np.pi * r1 * r2) * sh
        d = (ch + grow * sh / g) / (1 + grow)
        e = np.pi * r1**2 / z * ((1 + grow) * sh + grow / g * (grow * ch - grow * sh / g))
        p, u = a * p + b * u, e * p + d * u
    return p / u


times = []
for _ in range(5):
    start = time.process_time()
    curve()
    times.append(time.process_time() - start)
print(min(times))

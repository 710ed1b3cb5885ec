"""A picture to colours: decoding, reference target, correction, zones. Arrays in, arrays out.

The examples of this room measure one small picture: a chart of 24 patches and, beside it, a square of a known
reflectance, as a made-up camera of three broad bands sees them under even light. They use these names:

>>> import numpy as np
>>> from stainbook.photo.picture import Picture
>>> from stainbook.photo.target import ColourChart
>>> nm = np.arange(400.0, 701.0, 10.0)
>>> edge = 1 / (1 + np.exp((nm - np.arange(430, 640, 12)[:, None]) / 20))
>>> greys = np.linspace(0.04, 0.88, 6)[:, None] + 0 * nm
>>> curves = np.vstack([0.05 + 0.7 * edge[:9], 0.05 + 0.7 * (1 - edge[9:]), greys])
>>> square = 0.25 + 0.3 / (1 + np.exp((520 - nm) / 50))
>>> camera = np.exp(-(((nm[:, None] - (600, 545, 455)) / 40) ** 2))
>>> camera /= camera.sum(axis=0)
>>> corners = np.array([[20, 20], [260, 20], [260, 180], [20, 180]])
>>> light = np.full((200, 400, 3), 0.1)
>>> for n, rgb in enumerate(curves @ camera):
...     light[24 + n // 6 * 40 :, 24 + n % 6 * 40 :][:32, :32] = rgb
>>> light[60:140, 300:380] = square @ camera
>>> chart = ColourChart(4, 6, tuple(map(str, range(24))), curves, nm, sure=np.full(24, 0.01))
>>> picture = Picture(np.uint16(light * 65535), "linear")
"""

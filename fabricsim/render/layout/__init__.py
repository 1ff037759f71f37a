"""Pages with pictures, words, scales and keys in their places; nothing is ever written on the fabric.

``sheet`` lays traced pictures side by side on a page, with its title and the key of the yarns or, from ``legend``, the
scale of the colours. ``canvas`` is a figure whose data are pixels, for a drawing true to scale with dimensions beside
it. ``paper`` is a sheet to print, with places in mm from its top left; handouts and charts share it. Without a figure
it only measures, so that words can be laid out before anything is drawn.
"""

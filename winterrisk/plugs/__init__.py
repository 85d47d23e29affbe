"""plugs"""

"""The bucket's clock: minutes left as a range, how many more fit, new water, warmth and ammonia.

model    the closed-form balance of a well-mixed bucket, in plain numbers as on the phone
measured what two readings say about this very bucket, and exchange through its surface
clock    minutes, room and steady oxygen, with the doubt of everything that went in
warming  temperature in shade and sun, ice, and the time to each warning
ammonia  production, time to a limit, and the traffic light
change   what a part change of water does
"""

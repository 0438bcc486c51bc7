"""How sure a mix is to keep its limits, though lots of food differ and no spoon is exact.

`forms` writes limits as linear sums, `varying` turns amounts into what the room in each limit is made of: a mean, and
what each thing that varies moves it by. `draws` draws them, `chances` counts how often each limit is kept and all of
them, `helps` asks what would make a mix surer. Which mix is chosen is not decided here: see `model/sure.py`.
"""

print("later")

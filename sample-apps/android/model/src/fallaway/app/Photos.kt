package fallaway.app

import fallaway.PhotoState
import fallaway.PhotoView

/** Photos of the instrument: added, looked at one by one, and fetched where another device has them. */
class Photos(phone: Phone) : Screen(phone) {
    override val name = "photos"
    override val writes get() = true

    override fun forReader(one: Element) = one.takeIf { it.id !in listOf("caption", "add", "cross") }

    private var photos = emptyList<PhotoView>()
    private var caption = ""
    private var opened: PhotoView? = null
    private var picture: ByteArray? = null
    private var fetching = false
    private var fetched: String? = null

    override fun load() {
        val page = phone.instrument.photoPage()
        photos = page.views.filterNot { it.retracted }.reversed()
        phone.rights = page.role
    }

    override fun body() = buildList {
        add(heading(Say.PHOTOS))
        fetched?.let { add(Element("fetched", Role.BANNER, it.sentence())) }
        if (photos.isEmpty()) add(Element("none", Role.TEXT, say(Say.NO_PHOTOS_YET)))
        photos.forEachIndexed { at, one ->
            val here = one.entry == opened?.entry
            val missing = one.state == PhotoState.MISSING
            val words = one.caption ?: say(Say.PHOTO)
            add(
                Element(
                    "photo.${at + 1}", Role.ROW, words,
                    state = if (missing) say(Say.NOT_HERE_YET) else null, touch = true, chosen = here,
                ),
            )
            if (here) about(words, missing)
        }
        add(Element("caption", Role.FIELD, say(Say.CAPTION), value = caption))
        add(button("add", Say.ADD_PHOTO, main = opened == null))
    }

    private fun MutableList<Element>.about(words: String, missing: Boolean) {
        picture?.let { add(Element("picture", Role.PHOTO, words, picture = it)) }
        if (missing) {
            add(Element("missing", Role.TEXT, say(Say.PHOTO_IS_ELSEWHERE)))
            if (fetching) add(Element("fetching", Role.TEXT, say(Say.EXCHANGING)))
            if (!fetching && phone.http != null) add(button("fetch", Say.FETCH_PHOTO, main = true))
        }
        add(button("cross", Say.CROSS_OUT))
    }

    override fun touched(id: String) {
        when (id) {
            "add" -> phone.effects.addLast(Effect.ChoosePhoto)
            "fetch" -> opened?.let { fetch(it) }
            "cross" -> opened?.let {
                phone.instrument.retract(it.entry, say(Say.A_SLIP))
                look(null)
                load()
            }
            else -> id.place("photo")?.let(photos::getOrNull)?.let { one -> look(one.takeIf { it.entry != opened?.entry }) }
        }
    }

    /** The bytes are read when it is looked at, and not for a list. */
    private fun look(photo: PhotoView?) {
        opened = photo
        picture = photo?.let { phone.instrument.photoBytes(it.entry) }
    }

    /** A photo was taken or chosen. */
    fun took(bytes: ByteArray) = tried {
        phone.instrument.addPhoto(bytes, caption.trim().ifEmpty { null }, null, null)
        caption = ""
        load()
        look(photos.firstOrNull())
    }

    /** The instrument is opened anew for it: the person may go to another one while the relay answers. */
    private fun fetch(photo: PhotoView) {
        val http = phone.http ?: return
        val id = phone.instrument.id()
        fetching = true
        fetched = null
        phone.effects.addLast(
            Effect.Apart {
                val came = runCatching { phone.workshop.instrument(id).use { it.fetchPhoto(http, photo.entry) } }
                val then = {
                    fetching = false
                    tried {
                        fetched = came.getOrThrow().text
                        load()
                        if (opened?.entry == photo.entry) look(photos.firstOrNull { it.entry == photo.entry })
                    }
                }
                then
            },
        )
    }

    override fun typed(id: String, text: String) {
        if (id == "caption") caption = text
    }

    override fun kept() = mapOf("caption" to caption)

    override fun restore(kept: Map<String, String>) {
        caption = kept["caption"].orEmpty()
    }
}
